"""Item models between the document and list views."""
