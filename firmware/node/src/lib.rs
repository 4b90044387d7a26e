//! The logic of a Propstick board, without hardware.
#![no_std]
