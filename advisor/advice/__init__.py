"""From readings to advice, its words and what pages draw of it. Knows neither Flask nor the store."""
