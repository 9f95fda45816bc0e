"""What the session screen is made of: plain objects, each with one job, put together in `app.py`.

None knows the app. What a part needs is given to it; what it does for keys stands in its `acts`.
"""
