"""US seasonal ratings: 10 CFR 430 Subpart B, Appendices M and M1."""
