//! Versions of the schemas of JSON documents and tables, as `schema` names them: `hoopwright/vary/1.0`.
//!
//! The number is `major.minor`. What raises which:
//!
//! - Minor: a key or a column is added. Who reads the document by its keys reads the new one as before.
//! - Major, and minor back to 0: a key or a column is taken away or renamed, or changes its meaning, its unit or the kind of its value.
//! - Neither: other numbers by a better model, other words in a sentence, another order of keys.
//!
//! `tests/data/schemas.txt` holds the keys of each version; a test compares them with what the program writes. Documents of before this rule
//! name a major number only, which stands for its version `.0`. The file that a study goes on from is no such document: `study/rows` has a
//! format of its own, and goes on from no other.

/// Whether a document of one schema can be read as one of another: the same document in the same major version.
pub(crate) fn is_readable_as(schema: &str, known: &str) -> bool {
    major(schema) == major(known)
}

/// A schema without its minor number.
fn major(schema: &str) -> &str {
    let (_, version) = schema.rsplit_once('/').unwrap_or(("", schema));
    let minor = version.find('.').map_or(0, |dot| version.len() - dot);
    &schema[..schema.len() - minor]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_minor_version_is_read_and_no_other_major_one() {
        for schema in ["hoopwright/vary/1", "hoopwright/vary/1.0", "hoopwright/vary/1.12"] {
            assert!(is_readable_as(schema, "hoopwright/vary/1.3"), "{schema}");
        }
        for schema in ["hoopwright/vary/2.0", "hoopwright/vary/11.0", "hoopwright/map/1.0", "vary", ""] {
            assert!(!is_readable_as(schema, "hoopwright/vary/1.3"), "{schema}");
        }
    }
}
