//! Tells the program for what it is built, and packs the solver of a page into it under the feature `live`.

fn main() {
    println!("cargo::rerun-if-changed=build.rs");
    for (name, of_cargo) in [("COOLWRIGHT_TARGET", "TARGET"), ("COOLWRIGHT_PROFILE", "PROFILE")] {
        let value = std::env::var(of_cargo).expect("cargo says so");
        println!("cargo::rustc-env={name}={value}");
    }
    #[cfg(feature = "live")]
    live::pack();
}

#[cfg(feature = "live")]
mod live {
    use std::num::NonZeroU64;
    use std::path::Path;
    use std::{env, fs};

    use zopfli::{Format, Options, compress};

    /// How often the way to pack is looked at again: more gains next to nothing.
    const ROUNDS: NonZeroU64 = NonZeroU64::new(5).unwrap();

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
        // Neither a name nor a time stands in it: the same solver gives the same bytes. A search for the shortest way to
        // write it, which takes seconds, makes every page smaller by 4 % of it.
        let options = Options { iteration_count: ROUNDS, ..Options::default() };
        let mut packed = Vec::new();
        compress(options, Format::Gzip, &bytes[..], &mut packed)
            .expect("memory takes what is written to it");
        let out = env::var("OUT_DIR").expect("cargo says where");
        fs::write(Path::new(&out).join("solver.wasm.gz"), packed).expect("cargo's own folder");
    }
}
