//! Radiograph pixels and scale: DICOM and plain images in, calibrated grey picture out
