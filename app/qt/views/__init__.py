"""Views: each shows one thing of the document; none knows another."""
