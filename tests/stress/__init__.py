"""Attacks on the program, each of a stated size; small samples of them are among the tests."""
