"""The first screens of a callback: what is wrong, in own words or by symptom, and where on the car."""
