//! What several test files share.

pub mod desk;
pub mod records;
pub mod session;
pub mod walk;
