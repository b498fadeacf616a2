//! Generated forms for tests.
