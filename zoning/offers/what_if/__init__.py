"""What the page may reckon again, from an offer, its chosen passes and its decided zones."""

from zoning.offers.what_if.built import what_if as what_if
