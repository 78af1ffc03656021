"""Flask: pages, API, security. Knows how to ask and how to show; decides nothing about colour."""
