"""What `wordtight tighten` can make least, one module for each, all answering the same request."""
