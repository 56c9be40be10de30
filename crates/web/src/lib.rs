//! Pages, forms and live answers
