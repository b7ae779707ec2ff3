//! What can be said about one thing the program looks for: its id, its title and its chapter.

/// One entry of the handbook: an emission, a response or a check.
///
/// The chapter is the same text in the API documentation, in `explain` and on the web.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Topic {
    /// The file's name with hyphens; it never changes once released.
    pub id: &'static str,
    /// What it is called in a sentence.
    pub title: &'static str,
    /// The chapter, in Markdown.
    pub text: &'static str,
}
