"""Drills: an evolution planned for a device and a site, its card, its measurements, what they teach."""
