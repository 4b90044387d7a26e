//! A mapping proposed from the whole of a file.
