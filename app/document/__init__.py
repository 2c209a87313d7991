"""What is kept between runs; no window."""
