//! The one owner of a session's state: events, facts, gate, clock.
