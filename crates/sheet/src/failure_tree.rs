//! What if it fails: each device and each shared cause, what follows, and which case of the sheet that is.

/// One failure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FailureSheet {
    /// `altimeter A`, `altimeter A, too early`, `cause: iced ports`.
    pub id: String,
    /// What fails.
    pub fails: String,
    /// What it is, where that is stated: `altimeter`.
    pub is: Option<&'static str>,
    /// `does nothing`, `acts too early` or `shared cause`.
    pub how: &'static str,
    /// What fails or acts with it.
    pub also: Vec<String>,
    /// What it needs, all of it.
    pub needs: Vec<String>,
    /// What sets it going, any of it.
    pub fired_by: Vec<String>,
    /// What may strike it together with others.
    pub shared_causes: Vec<String>,
    /// What comes out by it: `canopies`, `one canopy`, the name of a stage.
    pub opens: Option<String>,
    /// What follows for the way down, in words.
    pub then: String,
    /// Whether it alone keeps a stage, or every canopy, from coming.
    pub single_point: bool,
    /// Whether it is a shared cause that does so although no device concerned does by itself.
    pub undoes_redundancy: bool,
    /// The case of the sheet that it is; `None` where nothing follows, or no case covers it.
    pub case: Option<String>,
    /// Whether nothing follows.
    pub harmless: bool,
}
