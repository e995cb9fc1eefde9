"""Tables, figures and files made from results."""
