"""Plugins: found, admitted, asked one at a time, and their answers looked at before anybody uses them."""
