//! One recipe from profiles and the values that the person has fixed; serves screen and command line.
