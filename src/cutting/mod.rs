//! Cutting data: formulas, limits and the recommended recipe. Takes quantities, returns quantities.
