//! The web pages of Propstick as bytes.
