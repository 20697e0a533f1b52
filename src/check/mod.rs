//! The program against the setup: findings.
