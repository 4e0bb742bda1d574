//! What the page may do: show itself, run its own script, and ask nothing of anyone.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

/// A content security policy (W3C CSP 3): only this style and these scripts, by their hashes. A page that solves may also
/// compile the solver that it holds, and run it beside itself from a blob of its own; it asks nothing of anyone either.
pub(super) fn policy(style: &str, scripts: &[&str], solves: bool) -> String {
    let hashes: String = scripts.iter().map(|text| format!(" 'sha256-{}'", hash(text))).collect();
    let (compiles, beside) =
        if solves { (" 'wasm-unsafe-eval'", "; worker-src blob:") } else { ("", "") };
    let style = hash(style);
    format!(
        "default-src 'none'; style-src 'sha256-{style}'; script-src{hashes}{compiles}{beside}; base-uri 'none'; \
         form-action 'none'"
    )
}

fn hash(text: &str) -> String {
    STANDARD.encode(Sha256::digest(text.as_bytes()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hash_is_that_of_its_standard() {
        // SHA-256 of "abc" (FIPS 180-4, example B.1): ba7816bf 8f01cfea ... f20015ad.
        assert_eq!(hash("abc"), "ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0=");
    }
}
