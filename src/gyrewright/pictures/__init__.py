"""Plain SVG drawn from answers, in the ink of the printed sheets; shared by the command line and the desk."""
