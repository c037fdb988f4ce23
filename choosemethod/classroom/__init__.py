"""The classroom: worksheets checked, quizzes and handouts written."""
