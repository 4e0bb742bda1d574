//! Packs the solver of a page into the program, under the feature `live` only.

fn main() {
    println!("cargo::rerun-if-changed=build.rs");
    #[cfg(feature = "live")]
    live::pack();
}

#[cfg(feature = "live")]
mod live {
    use std::io::Write as _;
    use std::path::Path;
    use std::{env, fs};

    use flate2::{Compression, GzBuilder};

    /// Puts the library as WebAssembly, which `COOLWRIGHT_SOLVER` names, beside what is built, packed with gzip
    /// (RFC 1952): what a browser unpacks without help.
    pub(super) fn pack() {
        println!("cargo::rerun-if-env-changed=COOLWRIGHT_SOLVER");
        let Ok(solver) = env::var("COOLWRIGHT_SOLVER") else {
            panic!(
                "the feature `live` needs the solver of a page: `.ci/live` builds it, and the program with it"
            );
        };
        println!("cargo::rerun-if-changed={solver}");
        let bytes = fs::read(&solver).unwrap_or_else(|error| panic!("{solver}: {error}"));
        assert!(bytes.starts_with(b"\0asm"), "{solver} is no WebAssembly");
        // Neither a name nor a time stands in it: the same solver gives the same bytes.
        let mut packed = GzBuilder::new().mtime(0).write(Vec::new(), Compression::best());
        packed.write_all(&bytes).expect("memory takes what is written to it");
        let packed = packed.finish().expect("memory takes what is written to it");
        let out = env::var("OUT_DIR").expect("cargo says where");
        fs::write(Path::new(&out).join("solver.wasm.gz"), packed).expect("cargo's own folder");
    }
}
