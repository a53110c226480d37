"""Getting the inputs: images and weather from open services, planting from what a machine wrote.

The one room that asks a network for anything, and only while a `get` command runs. Each kind is a package:
it asks or reads, judges what came, and hands whole files to `inputs.store`, which is the only writer.
"""
