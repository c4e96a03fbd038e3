//! Results for people and programs.
