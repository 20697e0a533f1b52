//! Drawing the model. Changes nothing.
