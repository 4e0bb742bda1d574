//! What the page may do: show itself, run its own script, and ask nothing of anyone.

use sha2::{Digest, Sha256};

/// The signs of Base64 (RFC 4648).
const SIGNS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/// A content security policy (W3C CSP 3): only this style and this script, by their hashes.
pub(super) fn policy(style: &str, script: &str) -> String {
    format!(
        "default-src 'none'; style-src 'sha256-{}'; script-src 'sha256-{}'; base-uri 'none'; form-action 'none'",
        hash(style),
        hash(script)
    )
}

fn hash(text: &str) -> String {
    base64(&Sha256::digest(text.as_bytes()))
}

fn base64(bytes: &[u8]) -> String {
    let mut out = String::new();
    for three in bytes.chunks(3) {
        let mut group = 0_u32;
        for k in 0..3 {
            group = group << 8 | u32::from(three.get(k).copied().unwrap_or(0));
        }
        for k in 0..4 {
            let sign = SIGNS[(group >> (18 - 6 * k) & 63) as usize];
            out.push(if k > three.len() { '=' } else { char::from(sign) });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn base64_is_that_of_its_standard() {
        // RFC 4648, section 10.
        let pairs =
            [("", ""), ("f", "Zg=="), ("fo", "Zm8="), ("foo", "Zm9v"), ("foobar", "Zm9vYmFy")];
        for (text, wanted) in pairs {
            assert_eq!(base64(text.as_bytes()), wanted);
        }
    }

    #[test]
    fn a_hash_is_that_of_its_standard() {
        // SHA-256 of "abc" (FIPS 180-4, example B.1): ba7816bf 8f01cfea ... f20015ad.
        assert_eq!(hash("abc"), "ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0=");
    }
}
