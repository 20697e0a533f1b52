//! What several test files share.

pub mod card;
pub mod desk;
pub mod records;
pub mod session;
pub mod walk;
