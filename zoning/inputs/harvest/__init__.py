"""After harvest: the combine's points, and where what was sprayed. Decides and judges nothing."""
