"""What a wheel is: plain data, the file reader and writer, materials and limits."""
