"""What decides: each rule compares a demand with a limit and says so in a sentence."""
