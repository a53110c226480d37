"""What is made of the answer: decisions judged, and what is believed next season.

judged         the plan's decisions, by what came of them
believed       what was believed, what was seen, what is believed now
reliability    chances that were forecast against what came
lessons        what to do better
learned_terms  what these hand on
"""
