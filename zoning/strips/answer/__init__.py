"""What the pairs say, and how surely.

response  the pairs -> mean, interval, chance above break-even, and whether that can be told
by_zone   zone x pair -> responses of zones, drawn towards the field
mixed     the model behind it
differ    whether zones differ at all
spatial   how few points the many are worth
money     a response -> USD/ac
told      all of it in words
"""
