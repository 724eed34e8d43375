//! Results to text, JSON, tables, pictures and pages: pure functions.
