//! The program `propstick`.

fn main() {}
