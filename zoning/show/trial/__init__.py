"""What the strips said, for people: in the terminal, as a page, as a picture and as a PDF."""
