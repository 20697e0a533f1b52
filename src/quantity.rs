//! Quantities of the trade, their entry as people write them, and their display.
