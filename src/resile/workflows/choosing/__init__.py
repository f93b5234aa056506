"""From a range of binders and the grades that sites ask for to a choice, its reasons and its next test."""
