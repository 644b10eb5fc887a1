// A browser does not let a page on the disk read the index of words: there the search would go on for ever.
if (location.protocol === "file:") {
  document.querySelectorAll('[role="search"]').forEach((box) => box.remove());
}
