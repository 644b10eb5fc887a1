"""Images: the words of a program as files that machines load, and their proofreading.

`image.py` says what an image is and what reading a file gives; `formats/` holds one module for each kind of file.
`build.py` writes all of them for a program; `proofread.py` compares what was typed, punched or read back.
"""
