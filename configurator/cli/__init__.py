"""The command `headwright`: one file a command, heavy imports only inside of them."""
