//! A form as it was typed, under the name that the pages know it by.

pub use crate::app::typed::TypedTexts as TypedForm;
