"""For the classroom: worksheets marked, quiz questions with their keys, and practical handouts."""
