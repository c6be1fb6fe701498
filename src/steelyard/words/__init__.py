"""What the numbers are called and how they are said: sentences without layout."""
