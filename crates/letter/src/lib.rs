//! View model to Typst to tagged PDF
