//! Small selections that can be seen through.
