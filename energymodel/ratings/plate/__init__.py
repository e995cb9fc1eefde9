"""From a plate, a label or a brochure to a performance map."""
