//! Files that an answer rests on, by their hashes.

use sha2::{Digest, Sha256};

/// A file that an answer rests on.
#[derive(Clone, Debug)]
pub struct Source {
    /// What it is and is called.
    pub(crate) what: String,
    /// Its SHA-256.
    pub(crate) hash: String,
}

impl Source {
    /// `what` it is and is called, as in "log pull.csv".
    pub fn new(what: impl Into<String>, bytes: &[u8]) -> Self {
        let hash = Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect();
        Self { what: what.into(), hash }
    }

    /// The words before the hash.
    pub(crate) fn label(&self) -> String {
        format!("SHA-256 of the {}", self.what)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4, example of the one-block message "abc".
    #[test]
    fn the_hash_is_that_of_the_standard() {
        assert_eq!(Source::new("", b"abc").hash, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }
}
