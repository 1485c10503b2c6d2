"""Pages: the steps of the work, each over the document; none knows another."""
