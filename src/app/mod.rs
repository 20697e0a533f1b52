//! Model, messages, update: what the screen shows and what a key means. Knows no terminal.
