"""Time logs of ISO 11783-10 task data: what a planter's terminal wrote, by the open standard.

folder    the files of a set, by name, from a folder or a zip
tree      one XML file as elements
tasks     which tasks there are, what they planted, and which time logs they have
timelog   a binary time log as columns
read      the logs of the tasks that were asked for, as one table
"""
