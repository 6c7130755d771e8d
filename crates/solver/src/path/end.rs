//! How a path ended.

/// How a path ended.
#[derive(Clone, Debug, PartialEq)]
pub enum End {
    /// The pressure passed its maximum and fell.
    LimitPoint,
    /// The bundle's centre rose over the crest before a maximum was passed.
    CoreClearsCrest,
    /// The bundle reached its breaking force.
    BundleBreaks,
    /// A cord reached its breaking force.
    CordBreaks,
    /// The stated cap was reached.
    Cap,
    /// No equilibrium was found further on; the reason. Never a release.
    Failed(String),
}
