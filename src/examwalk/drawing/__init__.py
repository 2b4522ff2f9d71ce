"""Line drawings of tests and grades, for the terminal and for paper."""
