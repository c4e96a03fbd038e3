//! Learning from outcomes of sites that are drawn here.
