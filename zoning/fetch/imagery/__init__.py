"""Clear satellite images of a field, out of an open catalogue that speaks STAC, into its folder.

catalogues  whom to ask: a named entry of catalogues.toml, or an address
stac        asks the catalogue, and gives its items as they came
refusals    what an answer that is a refusal means
scenes      an item -> what it holds of a scene: bands, mask, offset, licence; scenes sorted by day and tile
pixels      one band around the field, out of a file that stays where it is; only the parts that are needed
clear       how much of the field a scene shows, by its scene classification
counts      what a scene's counts are, and whether its offset was taken off already
day         the scenes of a day as one image
chosen      which days are kept
sources     what lies in the folder already, from where, under which licence
written     GeoTIFFs, sources.json, and the [[imagery]] of field.toml
got         all of it, in its order; `told` says what came of it
"""
