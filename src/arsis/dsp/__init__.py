"""Signal processing without opinions: windows, filters, interpolation, noise, and the C kernels."""
