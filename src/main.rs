//! The executable: the allocator, and the library's program.

use std::process::ExitCode;

/// Many short texts and a few large blocks on many threads: the allocator of the C library keeps what it has
/// once taken, six times as much as this one.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    vestibule::program::main()
}
