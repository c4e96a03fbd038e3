//! Orders of hand-made portfolios.
