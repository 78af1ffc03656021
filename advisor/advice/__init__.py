"""Needed shift, words and ranking: model in, model out."""
