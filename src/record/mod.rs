//! The saved session: schema, read, write, compare.
