//! The sentences against the voice of the pages.
