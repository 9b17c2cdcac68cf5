"""Circles of files: files that depend on each other, directly or through others.

- :mod:`.ties` holds the dependences between files and finds the circles in them,
- :mod:`.python_files` reads the dependences of Python files from their imports,
- :mod:`.rust_tokens` splits Rust text into tokens,
- :mod:`.rust_modules` reads the module tree of a crate: items, ``use`` lines and paths,
- :mod:`.rust_files` resolves these to the dependences of Rust files.
"""
