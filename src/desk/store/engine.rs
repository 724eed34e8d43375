//! What differs between the databases.

/// A database that the desk can stand on.
pub trait Engine: Send + Sync {
    /// Its address.
    fn url(&self) -> String;
    /// What the user can do when it cannot be opened.
    fn remedy(&self) -> String;
    /// Most connections at a time.
    fn connections(&self) -> u32;
    /// Statements at the start of every connection.
    fn at_connection(&self) -> Option<&'static str>;
    /// How a piece of work that writes begins.
    fn begin(&self) -> &'static str;
    /// How a piece of work begins that reads everything as it is at one moment.
    fn begin_look(&self) -> &'static str;
    /// At the end of a SELECT: keeps the rows from others until the commit.
    fn for_update(&self) -> &'static str;
    /// The same, passing over rows that others keep.
    fn for_update_skip_locked(&self) -> &'static str;
    /// A statement that makes a deletion real on the disk at once, where one is needed.
    fn after_deletion(&self) -> Option<&'static str>;
}
