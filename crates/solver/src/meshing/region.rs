//! What the tyre's section is made of.

/// What a quadrilateral is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Region {
    /// Bead bundle.
    Bundle,
    /// Bead rubber, filler, chafer.
    Bead,
    /// Casing and sidewall.
    Casing,
    /// Tread.
    Tread,
}
