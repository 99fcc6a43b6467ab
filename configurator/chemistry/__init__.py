"""How wetted materials stand what a material is made of, with evidence for each verdict."""
