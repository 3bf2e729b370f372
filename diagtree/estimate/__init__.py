"""Paths through trees and what comes of them: distributions, and what an edit changes in effect."""
