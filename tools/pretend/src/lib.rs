//! Makes invented drop recordings with a known truth.
