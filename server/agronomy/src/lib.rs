//! The science of Propstick: numbers in, numbers out.
#![no_std]
extern crate alloc;
