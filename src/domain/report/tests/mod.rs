//! Numbers against published ones, and properties that hold for any.

mod months;
mod numbers;
mod tracks;
