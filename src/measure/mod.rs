//! What is measured on the part and on the machine: sizes, return test.
