"""A planter's or a phone's file as sowings in our terms; `read` asks, in this order.

asked     roles, and what options say of the file
opened    the file as columns and places, whatever its format: shapes, table, task data, a zip of one of them
columns   which column is what, by name
moments   the day, and time of day, of each row
counts    the population, in seeds per acre
"""
