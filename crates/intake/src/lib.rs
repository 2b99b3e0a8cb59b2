//! Bytes to recordings and tables: every reader, every encoding.
