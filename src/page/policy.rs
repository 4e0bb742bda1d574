//! What the page may do: show itself, run its own script, and ask nothing of anyone.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

/// A content security policy (W3C CSP 3): only this style and this script, by their hashes.
pub(super) fn policy(style: &str, script: &str) -> String {
    format!(
        "default-src 'none'; style-src 'sha256-{}'; script-src 'sha256-{}'; base-uri 'none'; form-action 'none'",
        hash(style),
        hash(script)
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
