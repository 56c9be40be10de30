//! How is a phantom film written as a DICOM object?
